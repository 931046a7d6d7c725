"""The domain, one subject a module: plain functions on SI values, each declared as a formula where it stands."""
