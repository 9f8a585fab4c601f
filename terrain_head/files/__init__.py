"""The only code that opens, reads or writes a file and knows formats and coordinate systems."""
