"""Pictures for the client; the only folder that may import pyvista or VTK."""
