"""Bringing old notes in: any sheet, read as far as it is certain, into the logbook's own files."""
