"""What the machines under the stand do, and what happens when one fails. Pure."""
