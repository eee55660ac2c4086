"""Doing it unharmed: cautions and the sums behind them."""
