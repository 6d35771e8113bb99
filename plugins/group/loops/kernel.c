/* The search and the inner loops of grouping as a module of Python, and how they read their arguments. Each file here is
 * named as the one that tells the same in Python and says what it is for; only put.c is a part of rooms.py, numbers.c is
 * for lists and memory, and engine.c stands between the search and Python. Each returns what its namesake there does, to
 * the last bit: whole numbers of 64 bits, and sums of doubles in the same order. Only what Python keeps stable is used
 * (3.11 and later), so one build serves all later versions.
 */
#include "kernel.h"

int
is_tuple_of(PyObject *tuple, Py_ssize_t size)
{
    if (PyTuple_Check(tuple) && PyTuple_Size(tuple) == size)
        return 1;
    PyErr_Format(PyExc_TypeError, "a tuple of %zd is wanted", size);
    return 0;
}

/* Reads a tuple of whole numbers; 0 with an error set where it is none. */
int
read_numbers(PyObject *tuple, num *into, Py_ssize_t count)
{
    if (!is_tuple_of(tuple, count))
        return 0;
    for (Py_ssize_t k = 0; k < count; k++) {
        into[k] = PyLong_AsLongLong(PyTuple_GetItem(tuple, k));
        if (into[k] == -1 && PyErr_Occurred())
            return 0;
    }
    return 1;
}

int
read_own_ways(PyObject *own, Ways *ways)
{
    Py_ssize_t count = PyTuple_Check(own) ? PyTuple_Size(own) : 0;
    if (count < 1 || count > 2) {
        PyErr_SetString(PyExc_TypeError, "a print lies in one way or two");
        return 0;
    }
    ways->count = (int)count;
    for (int k = 0; k < ways->count; k++) {
        num way[2];
        if (!read_numbers(PyTuple_GetItem(own, k), way, 2))
            return 0;
        if (way[0] < 1 || way[1] < 1) {
            PyErr_SetString(PyExc_ValueError, "every print has a size");
            return 0;
        }
        ways->w[k] = way[0];
        ways->h[k] = way[1];
    }
    return 1;
}

int
read_ways(PyObject *all, PyObject *index, Ways *ways)
{
    Py_ssize_t i = PyLong_AsSsize_t(index);
    PyObject *own = i == -1 && PyErr_Occurred() ? NULL : PyList_GetItem(all, i);
    return own && read_own_ways(own, ways);
}

PyObject *
room_as_tuple(Room room)
{
    return Py_BuildValue("(LLLL)", (long long)room.x, (long long)room.y, (long long)room.w, (long long)room.h);
}

static PyMethodDef functions[] = {
    {"lay_anew", lay_anew, METH_VARARGS, "plugins.group.rooms.lay_anew, compiled."},
    {"fill_rooms", fill_rooms, METH_VARARGS, "plugins.group.rooms.fill_rooms, compiled."},
    {"fill_gaps", fill_gaps, METH_VARARGS, "plugins.group.gaps.fill_gaps, compiled."},
    {"change_places", change_places, METH_VARARGS, "plugins.group.swaps.change_places, compiled."},
    {"open_search", open_search, METH_VARARGS, "plugins.group.anneal.Annealer, compiled."},
    {"first_runs", first_runs, METH_VARARGS, "plugins.group.anneal.Annealer.first, compiled."},
    {"annealed", annealed, METH_VARARGS, "plugins.group.anneal.Annealer.anneal, compiled."},
    {"remembered", remembered, METH_VARARGS, "plugins.group.packer.Packer.elsewhere."},
    {"cut_apart", cut_apart, METH_VARARGS, "plugins.group.pieces.cut_apart, compiled."},
    {"misfits", misfits, METH_VARARGS, "plugins.group.misfits.misfits, compiled."},
    {"choose", choose_set, METH_VARARGS, "plugins.group.choice.choose, compiled."},
    {"knapsack", knapsack, METH_VARARGS, "plugins.group.knapsack.knapsack, compiled."},
    {0},
};

static struct PyModuleDef module = {
    PyModuleDef_HEAD_INIT, .m_name = "kernel", .m_size = 0, .m_methods = functions,
};

PyMODINIT_FUNC
PyInit_kernel(void)
{
    return PyModuleDef_Init(&module);
}
