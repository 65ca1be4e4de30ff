"""Speed, each beside a named peer in the same run, as a ratio. Never a timed test."""
