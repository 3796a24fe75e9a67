"""The web app: the acts of the command line for somebody with gloves on, a phone, bad light and a link that drops."""
