"""The catalogue: an archive as one page of HTML that needs no network, and a light model a part."""
