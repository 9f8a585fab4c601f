"""Records become matplotlib figures; nothing is shown or saved here."""
