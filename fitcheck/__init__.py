"""Does a replacement battery module kit fit its donor case, with what margin, and how sure?"""

__version__ = "0.2.0"
