"""Mutants: copies of one module with one small fault each, which the tests have to notice."""
