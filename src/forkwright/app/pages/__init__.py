"""The pages of the workbench, one module each; a module with a `PAGE` and a `router` is in the navigation."""
