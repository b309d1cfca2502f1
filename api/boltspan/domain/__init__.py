"""The nouns and rules of the job: standard library only, no input or output."""
