"""Records as compiled code takes them: NamedTuples of arrays, numbers and further records, read there by their names.

    packed = pack(record)

To compiled functions a record is one argument, however many fields it has; `packed.field` reads the same there and in
Python. Its fields are those of its NamedTuple: there is no second list. Arrays are shared, not copied, so what
compiled code writes Python sees; numbers are as they were when packed.

Why of our own: of records of 85 fields, Numba's structref builds for 4 s at every start, as its constructor is not
cached, and counts references, which two threads would share; NamedTuples by value build for 3 s a function and take
17 us a call. This one builds nothing, takes 1 us, and reads as fast as a flat array with offsets (4 processor seconds,
3 s, and 0.011 s against 0.012 s a hundred thousand changeovers, on a busy machine).
"""

from struct import Struct
from typing import Any, NamedTuple, TypeVar, cast, get_args, get_origin, get_type_hints
from zlib import crc32

import numba
import numpy as np
from llvmlite import ir
from numba.core import cgutils, extending, types
from numba.core.typing import templates
from numba.np import arrayobj

# Their stubs know less than they do.
nb, ext, utils, laid_out = cast(Any, numba), cast(Any, extending), cast(Any, cgutils), cast(Any, arrayobj)
AttributeTemplate: Any = templates.AttributeTemplate
PrimitiveModel: Any = ext.models.PrimitiveModel

Record = TypeVar("Record", bound=tuple[Any, ...])

WORD: Any = ir.IntType(64)
FLOAT, FLOAT_AS_WORD = Struct("=d"), Struct("=q")


class PackedType(types.Type):
    """What compiled code knows of a record: names and kinds of its fields, and at which word each begins.

    An array takes a word for its address and one for each of its dimensions; anything else one.
    """

    def __init__(self, name: str, fields: tuple[tuple[str, Any], ...]) -> None:
        self.fields = fields
        self.kinds = dict(fields)
        self.places: dict[str, int] = {}
        place = 0
        for field, kind in fields:
            self.places[field] = place
            place += 1 + kind.ndim if isinstance(kind, types.Array) else 1
        super().__init__(name=name)
        # Numba asks for it a million times while it builds. The same in each process: it is kept with what is built.
        self._hash = crc32(repr(self.key).encode())

    @property
    def key(self) -> Any:
        return self.name, self.fields

    def __hash__(self) -> int:
        return self._hash


@ext.register_model(PackedType)
class _Model(PrimitiveModel):  # type: ignore[misc]
    """A pointer to the record's words."""

    def __init__(self, manager: Any, kind: PackedType) -> None:
        super().__init__(manager, kind, WORD.as_pointer())


@ext.infer_getattr
class _Fields(AttributeTemplate):  # type: ignore[misc]
    key = PackedType

    def generic_resolve(self, kind: PackedType, field: str) -> Any:
        return kind.kinds.get(field)


@ext.lower_getattr_generic(PackedType)  # type: ignore[untyped-decorator]
def _read(context: Any, builder: Any, packed: PackedType, pointer: Any, field: str) -> Any:
    """A field. Words never change once written, which the compiler may count on."""
    kind, place = packed.kinds[field], packed.places[field]

    def word(n: int) -> Any:
        loaded = builder.load(builder.gep(pointer, [WORD(n)]))
        loaded.set_metadata("invariant.load", builder.module.add_metadata([]))
        return loaded

    if isinstance(kind, PackedType):
        return builder.inttoptr(word(place), WORD.as_pointer())
    if not isinstance(kind, types.Array):
        return builder.bitcast(word(place), ir.DoubleType()) if kind == types.float64 else word(place)
    item = context.get_data_type(kind.dtype)
    itemsize = WORD(context.get_abi_sizeof(item))
    shape = [word(place + 1 + n) for n in range(kind.ndim)]
    strides: list[Any] = []
    for length in reversed([*shape[1:], itemsize]):
        strides.insert(0, builder.mul(strides[0], length, flags=["nsw"]) if strides else length)
    array = context.make_array(kind)(context, builder)
    laid_out.populate_array(
        array, data=builder.inttoptr(word(place), item.as_pointer()), shape=utils.pack_array(builder, shape),
        strides=utils.pack_array(builder, strides), itemsize=itemsize, meminfo=None, parent=None,
    )  # fmt: skip
    return array._getvalue()


@ext.unbox(PackedType)  # type: ignore[untyped-decorator]
def _unbox(kind: PackedType, value: Any, c: Any) -> Any:
    address = c.pyapi.object_getattr_string(value, "address")
    number = c.pyapi.long_as_ulonglong(address)
    c.pyapi.decref(address)
    return ext.NativeValue(c.builder.inttoptr(number, WORD.as_pointer()))


class _Packed:
    """Stands for its record: the record's own attributes, and the words that compiled code reads."""

    __slots__ = ("_numba_type_", "address", "record", "words")

    def __init__(self, record: Any) -> None:
        words: list[int] = []
        for (field, kind), value in zip(_kinds(type(record)).items(), record, strict=True):
            if isinstance(kind, np.dtype):
                if value.dtype != kind or not value.flags.c_contiguous:
                    found = f"{value.dtype}, not row by row or not {kind}"
                    raise TypeError(f"{type(record).__name__}.{field}: {found}")
                words.append(value.__array_interface__["data"][0])
                words += value.shape
            elif kind is float:
                words.append(*FLOAT_AS_WORD.unpack(FLOAT.pack(value)))
            else:
                words.append(int(value) if kind is int else value.address)
        self.record = record
        self.words = np.array(words, dtype=np.int64)
        self.address = self.words.ctypes.data
        self._numba_type_ = _type_of(record)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.record, name)


def pack(record: Record) -> Record:
    """The record as compiled code takes it. Raises TypeError where an array is not of the kind its field says, not laid
    out row by row, or of other dimensions than the first record of its class had there."""
    return cast(Record, _Packed(record))


def tidied(record: Record) -> Record:
    """The same record with arrays of the kinds its fields say, copied where they are not; for those only read."""
    named = cast(Any, record)
    kinds = _kinds(type(record))
    values = [
        np.ascontiguousarray(value, dtype=kinds[field]) if isinstance(kinds[field], np.dtype) else value
        for field, value in zip(named._fields, named, strict=True)
    ]
    return cast(Record, type(named)(*values))


class _Known(NamedTuple):
    """kinds: of its fields, in their order. type_: once a record of it was packed, its type and each array's number of
    dimensions."""

    kinds: dict[str, Any]
    type_: list[tuple[PackedType, tuple[int | None, ...]]]


_KNOWN: dict[type, _Known] = {}


def _kinds(of: type) -> dict[str, Any]:
    """Of each field: a dtype (an array), int, float, or the class of a further record."""
    if of not in _KNOWN:
        hints = get_type_hints(of)
        fields = [(name, hints[name]) for name in cast(Any, of)._fields]
        kinds = {name: _dtype(hint) if get_origin(hint) is np.ndarray else hint for name, hint in fields}
        _KNOWN[of] = _Known(kinds, [])
    return _KNOWN[of].kinds


def _dtype(hint: Any) -> Any:
    return np.dtype(get_args(get_args(hint)[1])[0])


def _type_of(record: Any) -> PackedType:
    """One type for all records of a class: compiled code is built once."""
    of = type(record)
    kinds, known = _KNOWN[of]
    if not known:
        fields = tuple((field, _type(kind, getattr(record, field))) for field, kind in kinds.items())
        dimensions = tuple(kind.ndim if isinstance(kind, types.Array) else None for _, kind in fields)
        known.append((PackedType(of.__name__, fields), dimensions))
    type_, dimensions = known[0]  # two threads that pack the first ones at a time find two, which are equal
    for (field, _), value, ndim in zip(type_.fields, record, dimensions, strict=True):
        if ndim is not None and ndim != value.ndim:
            raise TypeError(f"{of.__name__}.{field}: {value.ndim} dimensions, elsewhere {ndim}")
    return type_


def _type(kind: Any, value: Any) -> Any:
    if isinstance(kind, np.dtype):
        return types.Array(nb.from_dtype(kind), value.ndim, "C")
    return {int: types.int64, float: types.float64}[kind] if kind in (int, float) else value._numba_type_
