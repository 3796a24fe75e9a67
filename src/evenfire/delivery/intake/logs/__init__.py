"""Logs of a boiler in any layout: read in a process of their own, kept as one Parquet file beside the original.

``reading.read_log`` is the way in and ``log.Log`` what comes out. Everything that looks into a stranger's file is run
by ``log_child``; whatever it finds, the caller gets a log or one :class:`~evenfire.errors.BadLog`.
"""
