"""Side-by-side timings: the exact planner against a generic mixed-integer program of the same choice."""
