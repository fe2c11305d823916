"""The flows: one module a thing a person asks for, one named call a step."""
