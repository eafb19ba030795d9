"""The drawings of the gallery, each made by a script from a few handfuls of points."""
