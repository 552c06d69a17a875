"""The carbonate system: from any two of alkalinity, DIC, pH and pCO2 to all the rest."""
