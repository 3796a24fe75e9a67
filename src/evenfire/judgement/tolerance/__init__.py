"""How likely a boiler leaves its order in a year, and which surveyed value its margins hang on."""
