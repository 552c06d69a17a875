"""The interface for programs: the contract's JSON, tokens with as much leave as they need."""
