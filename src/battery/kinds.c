#include "battery/kinds.h"

#include "base/memory.h"

/* What a current is, seen from a run of the given kind: a run is left only outside the hysteresis. */
static enum run_kind kind_of(double a, enum run_kind from, const struct rest_band *band)
{
    double discharge = from == RUN_DISCHARGE ? band->leave_a : band->enter_a;
    double charge = from == RUN_CHARGE ? band->leave_a : band->enter_a;
    if (a > discharge)
        return RUN_DISCHARGE;
    return a < -charge ? RUN_CHARGE : RUN_REST;
}

struct search {
    enum run_kind kind;    /* of the run so far */
    size_t first;          /* of the run so far */
    enum run_kind pending; /* of the readings since pending_first, when pending_count > 0 */
    size_t pending_first, pending_count;
    struct stretch *found;
    size_t count, capacity;
};

static void close_stretch(struct search *search, size_t next)
{
    search->found = memory_grow(search->found, search->count, &search->capacity);
    search->found[search->count++] = (struct stretch){search->kind, search->first, next - 1};
    search->kind = search->pending;
    search->first = next;
    search->pending_count = 0;
}

static void take_reading(struct search *search, size_t k, enum run_kind kind, size_t persist)
{
    if (kind == search->kind) {
        search->pending_count = 0;
        return;
    }
    if (search->pending_count == 0 || kind != search->pending) {
        search->pending = kind;
        search->pending_first = k;
        search->pending_count = 0;
    }
    if (++search->pending_count == persist)
        close_stretch(search, search->pending_first);
}

size_t kinds_find(const struct trace *trace, const struct envelope *envelope, const struct rest_band *band,
                  size_t persist, size_t most, struct stretch **ret_stretches)
{
    struct search search = {.kind = kind_of(trace->a[0], RUN_REST, band)};
    for (size_t b = 0; b < envelope->blocks && search.count <= most; b++) {
        enum run_kind least = kind_of(envelope->lo[b], search.kind, band);
        enum run_kind greatest = kind_of(envelope->hi[b], search.kind, band);
        if (search.pending_count == 0 && least == search.kind && greatest == search.kind)
            continue;
        size_t end = (b + 1) * ENVELOPE_BLOCK;
        for (size_t k = b * ENVELOPE_BLOCK; k < end && k < trace->count; k++)
            take_reading(&search, k, kind_of(trace->a[k], search.kind, band), persist);
    }
    if (search.pending_count > 0)
        close_stretch(&search, search.pending_first);
    search.pending = search.kind;
    close_stretch(&search, trace->count);
    if (search.count > most) {
        free(search.found);
        return 0;
    }
    *ret_stretches = search.found;
    return search.count;
}
