/* Sheets cut apart (pieces.py). */
#include "kernel.h"

/* Worths of pieces by width, wish and height. */
typedef struct {
    int32_t *at;
    Py_ssize_t wide, wishes, high;
} Pieces;

/* Gets an array of 32-bit numbers in C order; 0 with an error set where it is none. */
static int
get_pieces(PyObject *array, Py_buffer *buffer, Pieces *pieces)
{
    if (PyObject_GetBuffer(array, buffer, PyBUF_C_CONTIGUOUS | PyBUF_WRITABLE) < 0)
        return 0;
    if (buffer->ndim != 3 || buffer->itemsize != sizeof(int32_t)) {
        PyErr_SetString(PyExc_TypeError, "an array of 32-bit numbers by width, wish and height is wanted");
        PyBuffer_Release(buffer);
        return 0;
    }
    *pieces = (Pieces){buffer->buf, buffer->shape[0], buffer->shape[1], buffer->shape[2]};
    return 1;
}

/* Cuts across the width; returns whether any piece became worth more. */
static int
cut_wide(Pieces table, Pieces beside, int same)
{
    Py_ssize_t row = table.wishes * table.high;
    int raised = 0;
    for (Py_ssize_t size = 2; size < table.wide; size++) {
        int32_t *whole = table.at + size * row;
        for (Py_ssize_t part = 1; part <= (same ? size / 2 : size - 1); part++) {
            const int32_t *one = beside.at + part * row, *other = table.at + (size - part) * row;
            int32_t more = 0;
            for (Py_ssize_t k = 0; k < row; k++) {
                int32_t worth = one[k] + other[k], now = whole[k];
                more |= worth > now;
                whole[k] = worth > now ? worth : now;
            }
            raised |= more;
        }
    }
    return raised;
}

static int
cut_high(Pieces table, Pieces beside, int same)
{
    int raised = 0;
    for (Py_ssize_t line = 0; line < table.wide * table.wishes; line++) {
        int32_t *whole = table.at + line * table.high, *part = beside.at + line * table.high;
        for (Py_ssize_t size = 2; size < table.high; size++) {
            int32_t best = whole[size];
            for (Py_ssize_t k = 1; k <= (same ? size / 2 : size - 1); k++) {
                int32_t worth = part[k] + whole[size - k];
                best = worth > best ? worth : best;
            }
            raised |= best > whole[size];
            whole[size] = best;
        }
    }
    return raised;
}

PyObject *
cut_apart(PyObject *self, PyObject *args)
{
    PyObject *array, *second;
    Py_buffer buffer, other;
    Pieces table, beside;
    (void)self;
    if (!PyArg_ParseTuple(args, "OO", &array, &second) || !get_pieces(array, &buffer, &table))
        return NULL;
    int same = second == Py_None, good = 1;
    if (same)
        beside = table;
    else if ((good = get_pieces(second, &other, &beside))) {
        good = beside.wide == table.wide && beside.wishes == table.wishes && beside.high == table.high;
        if (!good) {
            PyErr_SetString(PyExc_ValueError, "arrays of one shape are wanted");
            PyBuffer_Release(&other);
        }
    }
    if (good) {
        int wide = 1, high = 1;
        while (wide || high) {
            wide = cut_wide(table, beside, same);
            high = cut_high(table, beside, same);
        }
        if (!same)
            PyBuffer_Release(&other);
    }
    PyBuffer_Release(&buffer);
    return good ? Py_NewRef(Py_None) : NULL;
}
