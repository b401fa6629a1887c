"""The pages of the app, one a module, each with one function ``page()``; logic stands elsewhere."""
