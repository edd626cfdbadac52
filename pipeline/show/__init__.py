"""Tables, plots and words for people: the command line, the page and the report share them."""
