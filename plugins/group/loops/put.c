/* A print put into one of the rooms of a sheet, which is parted or carved (rooms.py). */
#include "kernel.h"

/* Makes room for `more` rooms; 0 with an error set where memory is out. */
int
reserve(Rooms *rooms, Py_ssize_t more)
{
    if (rooms->count + more > rooms->size) {
        Py_ssize_t size = 2 * (rooms->count + more);
        Room *at = realloc(rooms->at, (size_t)size * sizeof(Room));
        if (!at) {
            PyErr_NoMemory();
            return 0;
        }
        rooms->at = at;
        rooms->size = size;
    }
    return 1;
}

/* Which room suits a print best (-1: none), and the way of lying there. */
static Py_ssize_t
choose(const Rooms *rooms, const Ways *ways, int choice, int *way)
{
    Py_ssize_t slot = -1;
    num lowest = 0;
    for (Py_ssize_t k = 0; k < rooms->count; k++) {
        num w = rooms->at[k].w, h = rooms->at[k].h;
        for (int turn = 0; turn < ways->count; turn++) {
            num pw = ways->w[turn], ph = ways->h[turn], score;
            if (pw > w || ph > h)
                continue;
            if (choice == 1)
                score = w * h;
            else {
                num above = h - ph;
                score = w - pw;
                if ((above < score) == (choice == 0))
                    score = above;
            }
            if (score < lowest || slot < 0) {
                lowest = score;
                slot = k;
                *way = turn;
            }
        }
    }
    return slot;
}

/* Parts room `slot` by straight cuts around a print in its corner; 0 where too much is lost, -1 on error. */
static int
part_room(Rooms *rooms, Py_ssize_t slot, num pw, num ph, Rules *rules)
{
    Room room = rooms->at[slot];
    memmove(rooms->at + slot, rooms->at + slot + 1, (size_t)(--rooms->count - slot) * sizeof(Room));
    num beside = room.w - pw, above = room.h - ph;
    if (!beside && !above)
        return 1;
    int first_across;
    if (rules->split < 2) {
        num across = room.w * above > beside * ph ? room.w * above : beside * ph;
        num upright = beside * room.h > pw * above ? beside * room.h : pw * above;
        first_across = (across >= upright) == (rules->split == 0);
    }
    else
        first_across = room.w < room.h;
    num tall = first_across ? ph : room.h, wide = first_across ? room.w : pw;
    if (!reserve(rooms, 2))
        return -1;
    if (beside >= rules->least)
        rooms->at[rooms->count++] = (Room){room.x + pw, room.y, beside, tall};
    if (above >= rules->least)
        rooms->at[rooms->count++] = (Room){room.x, room.y + ph, wide, above};
    if (beside < rules->useful)
        rules->slack -= beside * tall;
    if (above < rules->useful)
        rules->slack -= wide * above;
    return rules->slack >= 0;
}

/* The largest comes first. */
static int
comes_before(const Room *a, const Room *b)
{
    num by_area = b->w * b->h - a->w * a->h;
    if (!by_area)
        by_area = a->x != b->x ? a->x - b->x : a->y != b->y ? a->y - b->y : a->w != b->w ? a->w - b->w : a->h - b->h;
    return by_area < 0;
}

/* Carves the print at the corner of room `slot` out of every room; `spare` is for work. -1 on error. */
static int
carve(Rooms *rooms, Py_ssize_t slot, num pw, num ph, num least, Rooms *spare)
{
    num px = rooms->at[slot].x, py = rooms->at[slot].y, right = px + pw, top = py + ph;
    Py_ssize_t kept = 0;
    spare->count = 0;
    if (!reserve(spare, 4 * rooms->count))
        return -1;
    for (Py_ssize_t k = 0; k < rooms->count; k++) {
        Room r = rooms->at[k];
        num far = r.x + r.w, high = r.y + r.h;
        if (px >= far || right <= r.x || py >= high || top <= r.y) {
            rooms->at[kept++] = r;
            continue;
        }
        if (px - r.x >= least)
            spare->at[spare->count++] = (Room){r.x, r.y, px - r.x, r.h};
        if (far - right >= least)
            spare->at[spare->count++] = (Room){right, r.y, far - right, r.h};
        if (py - r.y >= least)
            spare->at[spare->count++] = (Room){r.x, r.y, r.w, py - r.y};
        if (high - top >= least)
            spare->at[spare->count++] = (Room){r.x, top, r.w, high - top};
    }
    rooms->count = kept;
    if (!reserve(rooms, spare->count))
        return -1;
    for (Py_ssize_t k = 1; k < spare->count; k++) {
        Room r = spare->at[k];
        Py_ssize_t n = k;
        for (; n > 0 && comes_before(&r, &spare->at[n - 1]); n--)
            spare->at[n] = spare->at[n - 1];
        spare->at[n] = r;
    }
    for (Py_ssize_t k = 0; k < spare->count; k++) {
        Room r = spare->at[k];
        int within = 0;
        for (Py_ssize_t n = 0; n < rooms->count && !within; n++) {
            Room o = rooms->at[n];
            within = o.x <= r.x && o.y <= r.y && o.x + o.w >= r.x + r.w && o.y + o.h >= r.y + r.h;
        }
        if (!within)
            rooms->at[rooms->count++] = r;
    }
    return 1;
}

/* Puts a print into the room that suits it best, and says where it lies; 1, or 0 where none does or too much is
 * lost, or -1 on error. */
int
put(Rooms *rooms, const Ways *ways, Rules *rules, Rooms *spare, Room *place)
{
    int way = 0;
    Py_ssize_t slot = choose(rooms, ways, rules->choice, &way);
    if (slot < 0)
        return 0;
    num pw = ways->w[way], ph = ways->h[way];
    *place = (Room){rooms->at[slot].x, rooms->at[slot].y, pw, ph};
    return spare ? carve(rooms, slot, pw, ph, rules->least, spare) : part_room(rooms, slot, pw, ph, rules);
}
