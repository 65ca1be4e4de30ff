"""One question a file."""
