"""Where intake, ram, tank and routes may go."""
