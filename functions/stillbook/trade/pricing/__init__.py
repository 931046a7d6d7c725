"""Taking off materials and labour, and pricing."""
