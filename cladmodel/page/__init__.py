"""The client's page: one file that opens offline, with the model, the figures and the cautions.

``front/`` is what runs in the browser (TypeScript, bundled when cladmodel is installed); the modules
here pack a model and its report into it. Nothing here measures or sets out.
"""
