"""One function for each job: open the files, solve, say."""
