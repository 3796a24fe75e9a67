"""Speed, always as a ratio against a reference measured in the same run."""
