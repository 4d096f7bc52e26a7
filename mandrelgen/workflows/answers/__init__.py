"""What a command says, as values: rows, words, JSON."""
