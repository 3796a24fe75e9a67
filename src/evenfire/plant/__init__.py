"""What is there: frozen values of a surveyed plant. What is impossible refuses to exist; what is wrong is judged."""
