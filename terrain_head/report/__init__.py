"""Words, tables and pages as text; nothing is saved here."""
