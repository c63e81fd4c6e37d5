"""Pictures: finishes, daylight, cameras, the preview and the layers; rays are followed by Embree."""
