"""The safe order in which dials are turned, from one set of settings to another."""
