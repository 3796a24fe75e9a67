"""Quantiles of Student's t and of F: how far a small number of readings may mislead."""


def t_quantile(probability: float, degrees_of_freedom: float) -> float:
    """Where Student's t reaches a probability [1]; of infinitely many degrees of freedom the normal distribution."""
    raise NotImplementedError


def t_cdf(value: float, degrees_of_freedom: float) -> float:
    """Probability [1] that Student's t stays at or below a value."""
    raise NotImplementedError


def f_quantile(probability: float, above: float, below: float) -> float:
    """Where F of ``above`` and ``below`` degrees of freedom reaches a probability [1]."""
    raise NotImplementedError
