"""What the shop knows: steps, tools, policy, people."""
