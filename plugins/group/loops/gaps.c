/* Prints laid into the lowest gap (gaps.py). */
#include "kernel.h"

/* What lies on a sheet, seen from above. */
typedef struct {
    num x, y, w;
} Step;

typedef struct {
    Step *at, *spare;
    Py_ssize_t count;
} Steps;

static void
add_step(Steps *steps, Step step)
{
    Step *last = steps->count ? &steps->spare[steps->count - 1] : NULL;
    if (last && last->y == step.y)
        last->w += step.w;
    else if (step.w)
        steps->spare[steps->count++] = step;
}

/* Puts three steps in the place of one, and makes one of neighbours that are level. */
static void
replace_step(Steps *steps, Py_ssize_t low, const Step laid[3])
{
    Py_ssize_t count = steps->count;
    steps->count = 0;
    for (Py_ssize_t k = 0; k < low; k++)
        add_step(steps, steps->at[k]);
    for (int k = 0; k < 3; k++)
        add_step(steps, laid[k]);
    for (Py_ssize_t k = low + 1; k < count; k++)
        add_step(steps, steps->at[k]);
    Step *kept = steps->at;
    steps->at = steps->spare;
    steps->spare = kept;
}

/* Lays the prints of a queue (whose places have no width yet) into the lowest gap, one after the other. */
static void
fill_lowest(Queue *queue, num width, num height, Steps *steps)
{
    steps->at[0] = (Step){0, 0, width};
    steps->count = 1;
    for (;;) {
        Py_ssize_t low = 0, chosen = -1;
        for (Py_ssize_t k = 1; k < steps->count; k++)
            low = steps->at[k].y < steps->at[low].y ? k : low;
        Step gap = steps->at[low];
        if (gap.y >= height)
            return;
        num left = (low ? steps->at[low - 1].y : height) - gap.y;
        num right = (low + 1 < steps->count ? steps->at[low + 1].y : height) - gap.y;
        num least = left < right ? left : right, most = left < right ? right : left;
        int best = -1, way = 0;
        for (Py_ssize_t k = 0; k < queue->count; k++)
            for (int turn = 0; !queue->place[k].w && turn < queue->ways[k].count; turn++) {
                num pw = queue->ways[k].w[turn], ph = queue->ways[k].h[turn];
                int score = 4 * (pw == gap.w) + 2 * (ph == most) + (ph == least);
                if (pw <= gap.w && ph <= height - gap.y && score > best) {
                    best = score;
                    chosen = k;
                    way = turn;
                }
            }
        Step laid[3] = {{gap.x, gap.y + least, gap.w}, {0, 0, 0}, {0, 0, 0}};
        if (chosen >= 0) {
            num pw = queue->ways[chosen].w[way], ph = queue->ways[chosen].h[way];
            int at_right = (ph == left) != (ph == right) ? ph == right : right > left;
            num start = at_right ? gap.x + gap.w - pw : gap.x, end = start + pw;
            queue->place[chosen] = (Room){start, gap.y, pw, ph};
            laid[0] = (Step){gap.x, gap.y, start - gap.x};
            laid[1] = (Step){start, gap.y + ph, pw};
            laid[2] = (Step){end, gap.y, gap.x + gap.w - end};
        }
        replace_step(steps, low, laid);
    }
}

PyObject *
fill_gaps(PyObject *self, PyObject *args)
{
    PyObject *ways, *list, *places = NULL;
    long long width, height;
    (void)self;
    if (!PyArg_ParseTuple(args, "(LL)O!O!", &width, &height, &PyList_Type, &ways, &PyList_Type, &list))
        return NULL;
    Queue queue = {0};
    Steps steps = {0};
    if (read_queue(list, ways, &queue)) {
        /* Each print makes two more steps at the most. */
        size_t most = 2 * (size_t)queue.count + 4;
        steps.at = malloc(most * sizeof(Step));
        steps.spare = malloc(most * sizeof(Step));
        places = steps.at && steps.spare ? PyList_New(queue.count) : PyErr_NoMemory();
    }
    if (places) {
        memset(queue.place, 0, (size_t)queue.count * sizeof(Room));
        fill_lowest(&queue, width, height, &steps);
    }
    for (Py_ssize_t k = 0; places && k < queue.count; k++) {
        PyObject *place = queue.place[k].w ? room_as_tuple(queue.place[k]) : Py_NewRef(Py_None);
        if (!place || PyList_SetItem(places, k, place) < 0)
            Py_CLEAR(places);
    }
    drop_queue(&queue);
    free(steps.at);
    free(steps.spare);
    return places;
}
