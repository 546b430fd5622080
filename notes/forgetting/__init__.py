"""A person is forgotten: their names, words and files go, what they vouched for still holds."""
