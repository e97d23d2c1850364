"""The one kind of error that this package raises for input that it cannot measure."""


class GeometryError(ValueError):
    """A shape, drawing or mesh that has no well-defined measure.

    what   what is wrong, with the place as coordinates where there is one
    fix   what the reader can do about it
    key    dotted key of the shape at fault ("cutouts[0].x"), or "" when the whole shape is
    """

    def __init__(self, what: str, fix: str = "", key: str = "") -> None:
        self.what = what
        self.fix = fix
        self.key = key
        super().__init__(f"{what} {fix}".strip())
