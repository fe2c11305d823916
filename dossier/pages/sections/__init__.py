"""The sections of the dossier, one module each: what it says, in which order, and when it says nothing."""
