"""Evenfire: settings for the pressure controls of a steam boiler, judged, chosen together and shown to hold."""

__version__ = "0.1.0"
