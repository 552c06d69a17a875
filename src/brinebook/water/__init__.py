"""Seawater chemistry, one function a published relation. Pure."""
