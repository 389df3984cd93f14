"""Does a replacement battery module kit fit its donor case, with what margin, and how sure?"""

__version__ = "0.1.0"
