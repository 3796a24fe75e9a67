"""The store: what was typed, surveyed, tested and signed, kept so that nothing acknowledged is lost."""
