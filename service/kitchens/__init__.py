"""What a kitchen keeps and makes: forms of what is sent and saved, the book that works recipes out."""
