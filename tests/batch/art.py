"""Drawings for batches: a ring with one square to cut out, somewhere."""

RING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="60mm" viewBox="0 0 80 60">'
    '<g fill="none" stroke="#000" stroke-width=".4"><path d="M2 2H78V58H2Z"/><path d="M12 12H68V48H12Z"/>'
    '<path class="open" d="M{x} 20h14v14h-14z"/></g></svg>'
)


def files_in(folder):
    """Bytes of every file of a folder, by path."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }
