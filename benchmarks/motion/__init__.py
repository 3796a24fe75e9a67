"""The simulation against a second opinion: the same flows, integrated and switched by somebody else."""
