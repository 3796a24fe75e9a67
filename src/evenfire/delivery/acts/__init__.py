"""What a person can ask for: each act is a function that knows no channel. The command line, and later pages, call these."""
