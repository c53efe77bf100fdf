"""Words, sentences and number formats for the person."""
