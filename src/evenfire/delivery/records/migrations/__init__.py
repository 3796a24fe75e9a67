"""How the tables came to be what they are, one step each; the steps never change once they are published."""
