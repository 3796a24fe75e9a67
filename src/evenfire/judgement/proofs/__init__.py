"""Proofs: one set of settings put through named scenarios in motion, each with a verdict and a margin."""
