"""The shipped workbooks: page parts, and a builder for each template made of them."""
