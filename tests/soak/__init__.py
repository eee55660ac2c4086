"""Long runs that a person starts: hostile input, kills, load. Each is one command and can be repeated."""
