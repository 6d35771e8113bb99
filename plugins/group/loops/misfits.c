/* Which prints fit together (misfits.py). */
#include "kernel.h"

#define KINDS_OF_PRINT 16

typedef struct {
    num w, h;
} Corner;

/* Corners that no other one is within, the narrowest first. */
typedef struct {
    Corner *at;
    int count, size;
} Corners;

/* Adds a corner if no other one is within it, and drops those that it is within; 0 where memory is out. */
static int
add_corner(Corners *corners, num w, num h)
{
    int k = 0, end;
    while (k < corners->count && corners->at[k].w <= w) {
        if (corners->at[k].h <= h)
            return 1;
        k++;
    }
    if (k && corners->at[k - 1].w == w)
        k--;
    for (end = k; end < corners->count && corners->at[end].h >= h; end++)
        ;
    if (corners->count + 1 > corners->size) {
        int size = corners->size ? 2 * corners->size : 8;
        Corner *at = realloc(corners->at, (size_t)size * sizeof(Corner));
        if (!at) {
            PyErr_NoMemory();
            return 0;
        }
        corners->at = at;
        corners->size = size;
    }
    memmove(corners->at + k + 1, corners->at + end, (size_t)(corners->count - end) * sizeof(Corner));
    corners->at[k] = (Corner){w, h};
    corners->count += 1 - (end - k);
    return 1;
}

typedef struct {
    int kinds, sets;
    int most[KINDS_OF_PRINT], stride[KINDS_OF_PRINT];
    Ways ways[KINDS_OF_PRINT];
    num width, height;
    Corners *least; /* of each set, by its number */
} Misfits;

static int
digit_of(const Misfits *all, int set, int k)
{
    return set / all->stride[k] % (all->most[k] + 1);
}

/* Finds the corners of a set from those of its two parts; 0 where memory is out. */
static int
join_parts(Misfits *all, int set)
{
    int digits[KINDS_OF_PRINT], part[KINDS_OF_PRINT] = {0}, number = 0;
    for (int k = 0; k < all->kinds; k++)
        digits[k] = digit_of(all, set, k);
    Corners *into = &all->least[set];
    for (;;) {
        int k = all->kinds - 1;
        while (k >= 0 && part[k] == digits[k]) {
            number -= part[k] * all->stride[k];
            part[k--] = 0;
        }
        if (k < 0)
            return 1;
        part[k]++;
        number += all->stride[k];
        if (number > set - number)
            return 1;
        const Corners *one = &all->least[number], *other = &all->least[set - number];
        for (int a = 0; a < one->count; a++)
            for (int b = 0; b < other->count; b++) {
                num w = one->at[a].w, h = one->at[a].h, x = other->at[b].w, y = other->at[b].h;
                if (w + x <= all->width && !add_corner(into, w + x, h > y ? h : y))
                    return 0;
                if (h + y <= all->height && !add_corner(into, w > x ? w : x, h + y))
                    return 0;
            }
    }
}

/* Lists the sets that do not fit though all smaller ones do. */
static PyObject *
list_misfits(Misfits *all)
{
    PyObject *found = PyList_New(0);
    for (int set = 1; found && set < all->sets; set++) {
        int total = 0, last = 0, hopeless = 0;
        for (int k = 0; k < all->kinds; k++) {
            int digit = digit_of(all, set, k);
            total += digit;
            if (digit) {
                last = k;
                hopeless |= set > all->stride[k] && !all->least[set - all->stride[k]].count;
            }
        }
        int good = 1;
        if (total == 1) {
            Ways *ways = &all->ways[last];
            for (int turn = 0; good && turn < ways->count; turn++)
                if (ways->w[turn] <= all->width && ways->h[turn] <= all->height)
                    good = add_corner(&all->least[set], ways->w[turn], ways->h[turn]);
        }
        else if (!hopeless)
            good = join_parts(all, set);
        if (good && !all->least[set].count && (total == 1 || !hopeless)) {
            PyObject *counts = PyTuple_New(all->kinds);
            for (int k = 0; counts && k < all->kinds; k++) {
                PyObject *digit = PyLong_FromLong(digit_of(all, set, k));
                if (!digit || PyTuple_SetItem(counts, k, digit) < 0)
                    Py_CLEAR(counts);
            }
            good = counts && PyList_Append(found, counts) == 0;
            Py_XDECREF(counts);
        }
        if (!good)
            Py_CLEAR(found);
    }
    return found;
}

PyObject *
misfits(PyObject *self, PyObject *args)
{
    PyObject *ways, *counts;
    long long width, height;
    Misfits all = {.sets = 1};
    (void)self;
    if (!PyArg_ParseTuple(args, "O!O!(LL)", &PyList_Type, &ways, &PyTuple_Type, &counts, &width, &height))
        return NULL;
    Py_ssize_t kinds = PyTuple_Size(counts);
    if (kinds > KINDS_OF_PRINT || kinds != PyList_Size(ways)) {
        PyErr_SetString(PyExc_ValueError, "ways and counts of up to 16 prints are wanted");
        return NULL;
    }
    all.kinds = (int)kinds;
    all.width = width;
    all.height = height;
    for (int k = all.kinds - 1; k >= 0; k--) {
        long count = PyLong_AsLong(PyTuple_GetItem(counts, k));
        PyObject *index = PyLong_FromLong(k);
        int good = index && read_ways(ways, index, &all.ways[k]);
        Py_XDECREF(index);
        if (!good || PyErr_Occurred())
            return NULL;
        if (count < 0 || count > 1000 || (all.sets *= (int)count + 1) > 1 << 16) {
            PyErr_SetString(PyExc_ValueError, "too many sets");
            return NULL;
        }
        all.most[k] = (int)count;
        all.stride[k] = all.sets / ((int)count + 1);
    }
    all.least = calloc((size_t)all.sets, sizeof(Corners));
    PyObject *found = all.least ? list_misfits(&all) : PyErr_NoMemory();
    for (int set = 0; all.least && set < all.sets; set++)
        free(all.least[set].at);
    free(all.least);
    return found;
}
