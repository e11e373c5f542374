"""How an answer looks: terminal, JSON."""
