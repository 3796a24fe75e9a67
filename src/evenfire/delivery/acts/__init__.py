"""What a person can ask for: each act is a function that knows no channel; command line and pages call the same."""
