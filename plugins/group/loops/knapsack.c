/* Knapsacks (knapsack.py). */
#include "kernel.h"

/* Fills `best` and `taken` row by row, and lists the prints taken. */
static PyObject *
fill(PyObject *items, Py_ssize_t count, Py_ssize_t room, double *best, char *taken)
{
    memset(best, 0, (size_t)(room + 1) * sizeof(double));
    for (Py_ssize_t row = 0; row < count; row++) {
        PyObject *item = PyList_GetItem(items, row);
        if (!is_tuple_of(item, 3))
            return NULL;
        Py_ssize_t cells = PyLong_AsSsize_t(PyTuple_GetItem(item, 1));
        double worth = PyFloat_AsDouble(PyTuple_GetItem(item, 2));
        if (cells < 0 && !PyErr_Occurred())
            PyErr_SetString(PyExc_ValueError, "no item takes less than no room");
        if (PyErr_Occurred())
            return NULL;
        char *here = taken + row * (room + 1);
        memset(here, cells == 0, (size_t)(room + 1));
        for (Py_ssize_t at = room; at >= cells; at--) {
            double with_it = best[at - cells] + worth;
            if (cells == 0 || with_it > best[at]) {
                best[at] = with_it;
                here[at] = 1;
            }
        }
    }
    PyObject *chosen = PyList_New(0);
    for (Py_ssize_t row = count - 1, at = room; chosen && row >= 0; row--)
        if (taken[row * (room + 1) + at]) {
            PyObject *item = PyList_GetItem(items, row);
            if (PyList_Append(chosen, PyTuple_GetItem(item, 0)) < 0)
                Py_CLEAR(chosen);
            at -= PyLong_AsSsize_t(PyTuple_GetItem(item, 1));
        }
    return chosen ? Py_BuildValue("(dN)", best[room], chosen) : NULL;
}

PyObject *
knapsack(PyObject *self, PyObject *args)
{
    PyObject *items;
    Py_ssize_t room;
    (void)self;
    if (!PyArg_ParseTuple(args, "On", &items, &room))
        return NULL;
    Py_ssize_t count = PyList_Size(items);
    if (count < 0)
        return NULL;
    if (room < 0) {
        PyErr_SetString(PyExc_ValueError, "there is no room below 0");
        return NULL;
    }
    double *best = malloc((size_t)(room + 1) * sizeof(double));
    char *taken = malloc((size_t)(count * (room + 1) + 1));
    PyObject *result = best && taken ? fill(items, count, room, best, taken) : PyErr_NoMemory();
    free(best);
    free(taken);
    return result;
}
