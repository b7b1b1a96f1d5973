#include "rehearsal/rehearsal.h"

#include "base/memory.h"

const double rehearsal_recovery_s = 900, rehearsal_limit_s = 14 * 86400.0;

static void draw_pack(struct rehearsal *one)
{
    const struct script *script = one->script;
    invented_ocv(&one->ocv);
    one->make = script->make;
    one->make.ocv = &one->ocv;
    struct random *random = random_new(script->seed);
    if (script->cells_differ)
        invented_cells_differ(&one->make, random);
    random_free(random);
    pack_init(&one->fresh, &one->make, script->charged);
}

static void play(struct rehearsal *one)
{
    const struct script *script = one->script;
    struct program program = {script->segments, script->count, script->grid_s, rehearsal_limit_s};
    struct truth twin = {0};
    one->left = one->fresh;
    rehearse(&one->left, &program, &one->truth);
    for (size_t k = 0; k < script->count; k++) {
        if (script->is_burst[k])
            one->costs[k] =
                rehearse_burst_cost(&one->fresh, &program, k, rehearsal_recovery_s, &one->truth, &twin);
        rehearse_step_ohm(&one->fresh, &program, k, truth_delays_s, TRUTH_DELAYS, &one->truth, &twin,
                          one->shown_ohm[k]);
    }
    truth_free(&twin);
}

/* Each meter has numbers of its own, so that a change of one leaves the others as they were. Its rows begin at any
 * moment of its period: a program of whole seconds must not fall in step with rows of whole seconds. */
static void read_meters(struct rehearsal *one)
{
    for (uint32_t k = 0; k < METERS; k++) {
        struct random *random = random_new(one->script->seed * 8 + 1 + k);
        one->meters[k] = instrument_draw(&one->script->meters[k], random);
        one->meters[k].begins_s = one->script->meters[k].period_s * random_uniform(random);
        instrument_read(&one->meters[k], &one->truth, random, &one->shown[k]);
        random_free(random);
    }
}

struct rehearsal *rehearsal_new(const struct script *script)
{
    struct rehearsal *one = memory_get(sizeof *one);
    one->script = script;
    draw_pack(one);
    play(one);
    read_meters(one);
    return one;
}

void rehearsal_free(struct rehearsal *rehearsal)
{
    if (rehearsal == NULL)
        return;
    truth_free(&rehearsal->truth);
    for (int k = 0; k < METERS; k++)
        shown_free(&rehearsal->shown[k]);
    free(rehearsal);
}
