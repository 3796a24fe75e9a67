"""Paper that stays in the boiler room: settings sheet, operator card, visit report, due list."""
