"""The command: one file for each subcommand."""
