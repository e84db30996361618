"""The document: everything that is stated about a sitting."""
