"""What has happened lately, and what may have caused it: matters, clues, and rival causes."""
