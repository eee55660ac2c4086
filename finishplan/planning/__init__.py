"""What to do: removal law, repairs, sequences and the exact choice."""
