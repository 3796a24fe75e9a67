"""What would happen in a boiler: properties of steam, storage, relief, evaporation, warm-up."""
