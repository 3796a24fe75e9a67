"""What people and programs meet: command line, files in and out, reports, words and units."""
