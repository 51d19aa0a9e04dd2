"""What every explorer is made of: fields, messages, tables, pictures, and work that does not freeze the page."""
