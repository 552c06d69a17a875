"""Results turned into sentences, tables, text figures and JSON."""
