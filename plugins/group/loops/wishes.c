/* What a layout should hold (wishes.py). */
#include "chance.h"
#include "kernel.h"

typedef struct {
    double appeal;
    long long index, copies;
} Wish;

static int
less_appealing(const void *one, const void *other)
{
    const Wish *a = one, *b = other;
    if (a->appeal != b->appeal)
        return a->appeal < b->appeal ? 1 : -1;
    return a->index < b->index ? 1 : a->index > b->index ? -1 : 0;
}

/* Reads what is known of print `index`; 0 with an error set where something is missing. */
static int
read_wish(PyObject *index, PyObject *rest, PyObject *worths, PyObject *areas, num *missing, double *worth, num *area)
{
    Py_ssize_t i = PyLong_AsSsize_t(index);
    PyObject *left = PyDict_GetItemWithError(rest, index), *own = left ? PyList_GetItem(worths, i) : NULL,
             *size = own ? PyList_GetItem(areas, i) : NULL;
    if (!size) {
        if (!PyErr_Occurred())
            PyErr_SetObject(PyExc_KeyError, index);
        return 0;
    }
    *missing = PyLong_AsLongLong(left);
    *worth = PyFloat_AsDouble(own);
    *area = PyLong_AsLongLong(size);
    if (*area < 1 && !PyErr_Occurred())
        PyErr_SetString(PyExc_ValueError, "every print has an area");
    return !PyErr_Occurred();
}

static int
add_wish(PyObject *wanted, const Wish *wish)
{
    PyObject *index = PyLong_FromLongLong(wish->index);
    int good = index != NULL;
    for (long long k = 0; good && k < wish->copies; k++)
        good = PyList_Append(wanted, index) == 0;
    Py_XDECREF(index);
    return good;
}

PyObject *
list_wishes(PyObject *self, PyObject *args)
{
    PyObject *first, *crowd, *rest, *worths, *areas;
    long long quantity, whole;
    int by_size;
    double noise;
    unsigned long long seed;
    (void)self;
    if (!PyArg_ParseTuple(args, "OO!LO!O!O!LpdK", &first, &PyList_Type, &crowd, &quantity, &PyDict_Type, &rest,
                          &PyList_Type, &worths, &PyList_Type, &areas, &whole, &by_size, &noise, &seed))
        return NULL;
    if (quantity < 1) {
        PyErr_SetString(PyExc_ValueError, "a layout is bought once at least");
        return NULL;
    }
    uint64_t state = seed;
    Py_ssize_t count = PyList_Size(crowd), listed = 1;
    Wish *wishes = malloc((size_t)(count + 1) * sizeof(Wish));
    PyObject *wanted = wishes ? PyList_New(0) : PyErr_NoMemory();
    int good = wanted != NULL;
    for (Py_ssize_t k = -1; good && k < count; k++) {
        PyObject *index = k < 0 ? first : PyList_GetItem(crowd, k);
        num missing, area;
        double worth;
        Wish wish = {0, PyLong_AsLongLong(index), 0};
        if (k >= 0 && wish.index == wishes[0].index)
            continue;
        if (!(good = read_wish(index, rest, worths, areas, &missing, &worth, &area)))
            break;
        num full = missing / quantity, part = missing % quantity;
        wish.copies = full + (part > 0) < whole / area ? full + (part > 0) : whole / area;
        if (k < 0) {
            wishes[0] = wish;
            continue;
        }
        wish.appeal = worth * (1 + noise * next_random(&state));
        if (!by_size)
            wish.appeal /= (double)area;
        if (part && full < 4)
            wish.appeal *= (double)missing / (double)(quantity * (full + 1));
        wishes[listed++] = wish;
    }
    if (good)
        qsort(wishes + 1, (size_t)(listed - 1), sizeof(Wish), less_appealing);
    for (Py_ssize_t k = 0; good && k < listed; k++)
        good = add_wish(wanted, &wishes[k]);
    free(wishes);
    if (!good)
        Py_CLEAR(wanted);
    return wanted;
}

PyObject *
worth_of(PyObject *self, PyObject *args)
{
    PyObject *counts, *rest, *worths;
    long long quantity;
    double sum = 0.0;
    (void)self;
    if (!PyArg_ParseTuple(args, "O!LO!O!", &PyTuple_Type, &counts, &quantity, &PyDict_Type, &rest, &PyList_Type, &worths))
        return NULL;
    for (Py_ssize_t k = 0; k < PyTuple_Size(counts); k++) {
        PyObject *pair = PyTuple_GetItem(counts, k);
        if (!is_tuple_of(pair, 2))
            return NULL;
        PyObject *index = PyTuple_GetItem(pair, 0), *left = PyDict_GetItemWithError(rest, index);
        if (left) {
            num copies = PyLong_AsLongLong(PyTuple_GetItem(pair, 1)) * quantity, missing = PyLong_AsLongLong(left);
            PyObject *worth = PyList_GetItem(worths, PyLong_AsSsize_t(index));
            if (!worth)
                return NULL;
            sum += PyFloat_AsDouble(worth) * (double)(copies < missing ? copies : missing);
        }
        if (PyErr_Occurred())
            return NULL;
    }
    return PyFloat_FromDouble(sum);
}
