"""Pure geometry on numpy and shapely; knows no leather."""
