"""What the maker keeps in a folder of her own, beside her profiles.

`written` writes a file of hers, and `kept` a job with all that it needs, so that it runs the same elsewhere.
"""
