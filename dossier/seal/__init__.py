"""Keys, the sealed record, the signed summary in the code, and the PDF signature."""
