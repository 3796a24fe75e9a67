"""Programs for those who work on evenfire; nothing here is installed with the package."""
