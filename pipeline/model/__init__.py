"""The nouns, in the order the work meets them: frozen values, no input or output, no policy."""
