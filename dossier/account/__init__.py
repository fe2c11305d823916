"""What is original, what was done, what to say, what is missing. Pure: values in, values out."""
