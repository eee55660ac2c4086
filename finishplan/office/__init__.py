"""What it takes: labour, days, quote."""
