"""Decorator for value classes: frozen dataclasses whose methods are compiled on first use.

`dataclasses.dataclass` compiles six methods per class at import. For several hundred classes that takes longer than
all the computing of a small job. Here a class gets its fields and slots from `dataclass`, shares functions for
comparison, hash, repr and pickling with all other classes, and gets an `__init__` of its own after its first objects.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
from typing import Any, TypeVar, dataclass_transform, overload

T = TypeVar("T")
_CLASS: Any = object.__dict__["__class__"]


@overload
def frozen(cls: type[T], /) -> type[T]: ...
@overload
def frozen(*, eq: bool = True, kw_only: bool = False, slots: bool = True) -> Callable[[type[T]], type[T]]: ...
@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T] | None = None, /, *, eq: bool = True, kw_only: bool = False, slots: bool = True) -> Any:
    """Turn a class into a frozen dataclass.

    eq       whether objects are compared by their fields; otherwise by identity
    kw_only  whether fields are keyword-only
    slots    whether objects have slots; a class with a cached property has none

    >>> @frozen
    ... class Bag:
    ...     mass_kg: float
    ...     name: str = "bag"
    >>> Bag(25.0), Bag(25.0) == Bag(25.0, "bag")
    (Bag(mass_kg=25.0, name='bag'), True)
    """

    def decorate(cls: type[T]) -> type[T]:
        cls.__doc__ = cls.__doc__ or cls.__name__  # otherwise dataclass builds one from the missing `__init__`
        own = set(cls.__dict__)
        built = dataclass(init=False, repr=False, eq=False, slots=slots, kw_only=kw_only)(cls)
        methods: dict[str, Any] = {
            "__init__": _init_once(built), "__repr__": _text, "__setattr__": _refuse, "__delattr__": _refuse,
        }  # fmt: skip
        if slots:  # without slots a copy keeps the cached properties too, to their last digit
            methods |= {"__getstate__": _state, "__setstate__": _set_state}
        if eq:
            values = _values_of(built)
            methods |= {"__eq__": _equality(values), "__hash__": _hash_of(values, kept=hasattr(built, KEPT_HASH))}
        for name, method in methods.items():
            if name not in own:
                setattr(built, name, method)
        return built

    return decorate if cls is None else decorate(cls)


FEW = 4  # objects of a class, from which on compiling its `__init__` is worth its time


def _init_once(cls: type) -> Callable[..., None]:
    """An `__init__` that sets the fields one by one, and replaces itself with a compiled one after a few objects."""
    made = 0

    def __init__(self: Any, *arguments: Any, **named: Any) -> None:  # noqa: N807
        nonlocal made
        made += 1
        if made <= FEW and _is_set(self, cls, arguments, named):
            return
        if cls.__init__ is __init__:  # type: ignore[misc]
            cls.__init__ = _init_of(cls)  # type: ignore[misc]
        cls.__init__(self, *arguments, **named)  # type: ignore[misc]

    return __init__


def _is_set(self: Any, cls: type, arguments: tuple[Any, ...], named: dict[str, Any]) -> bool:
    """Set the fields of an object; False if the arguments are not those of its class, which `__init__` then tells."""
    taken = [item for item in fields(cls) if item.init]
    names = [item.name for item in taken if not item.kw_only]
    values = dict(zip(names, arguments, strict=False))
    if len(arguments) > len(names) or values.keys() & named.keys():
        return False
    values |= named
    if values.keys() - {item.name for item in taken}:
        return False
    for item in fields(cls):
        if item.name not in values:
            if item.default is not MISSING:
                values[item.name] = item.default
            elif item.default_factory is not MISSING:
                values[item.name] = item.default_factory()
            elif item.init:
                return False
    for name, value in values.items():
        object.__setattr__(self, name, value)
    if hasattr(cls, "__post_init__"):
        self.__post_init__()
    return True


def _init_of(cls: type) -> Callable[..., None]:
    """Compile the `__init__` of a class: it sets the fields and calls `__post_init__` if there is one.

    While they are set, the object belongs to a mutable class of the same layout. That takes less than half the time of
    `object.__setattr__` for every field.
    """
    names: dict[str, Any] = {
        "MISSING": MISSING,
        "open_class": _open(cls),
        "closed_class": cls,
        "set_class": _CLASS.__set__,
    }
    given: list[str] = []
    named: list[str] = []
    lines: list[str] = []
    for item in fields(cls):
        value = item.name
        if item.default is not MISSING:
            names[f"default_{item.name}"] = item.default
        if item.default_factory is not MISSING:
            names[f"default_{item.name}"] = item.default_factory
            value = f"default_{item.name}() if {item.name} is MISSING else {item.name}"
        if item.init:
            (named if item.kw_only else given).append(item.name + _default_text(item))
            lines.append(f"self.{item.name} = {value}")
        elif f"default_{item.name}" in names:
            call = "()" if item.default_factory is not MISSING else ""
            lines.append(f"self.{item.name} = default_{item.name}{call}")
    lines = ["set_class(self, open_class)", *lines, "self.__class__ = closed_class"]
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    parameters = ", ".join(["self", *given, *(["*", *named] if named else [])])
    exec(f"def __init__({parameters}):\n " + "\n ".join(lines), names)
    init: Callable[..., None] = names["__init__"]
    init.__qualname__ = f"{cls.__qualname__}.__init__"
    return init


def _open(cls: type) -> type:
    """A mutable class of the same layout."""
    slots = {"__slots__": cls.__dict__["__slots__"]} if "__slots__" in cls.__dict__ else {}
    unlocked = {**slots, "__setattr__": object.__setattr__}
    built: type = type(cls)(cls.__name__, cls.__bases__, unlocked)
    return built


def _default_text(item: Field[Any]) -> str:
    if item.default_factory is not MISSING:
        return "=MISSING"
    return "" if item.default is MISSING else f"=default_{item.name}"


def _values_of(cls: type) -> Callable[[Any], Any]:
    """Getter for the values of the fields that take part in comparisons."""
    names = [item.name for item in fields(cls) if item.compare]
    return attrgetter(*names) if names else lambda _: ()


def _equality(values: Callable[[Any], Any]) -> Callable[[Any, object], bool]:
    def __eq__(self: Any, other: object) -> bool:  # noqa: N807
        if self is other:
            return True
        return bool(values(self) == values(other)) if other.__class__ is self.__class__ else NotImplemented

    return __eq__


KEPT_HASH = "_hash"  # a slot that a base class declares where its values are looked up many times


def _hash_of(values: Callable[[Any], Any], *, kept: bool) -> Callable[[Any], int]:
    """Hash of the values of the fields; computed once if the class has a slot for it."""

    def once(self: Any) -> int:
        try:
            known: int = self._hash
        except AttributeError:
            known = hash(values(self))
            object.__setattr__(self, KEPT_HASH, known)
        return known

    return once if kept else lambda self: hash(values(self))


def _text(self: Any) -> str:
    texts = (f"{item.name}={getattr(self, item.name)!r}" for item in fields(self) if item.repr)
    return f"{type(self).__qualname__}({', '.join(texts)})"


def _state(self: Any) -> list[Any]:
    return [getattr(self, item.name) for item in fields(self)]


def _set_state(self: Any, state: list[Any]) -> None:
    for item, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, item.name, value)


def _refuse(_self: Any, name: str, *_: Any) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")
