#include "bench/load_so_far.h"

#include "base/memory.h"
#include "battery/load_law.h"
#include "battery/ripple.h"

struct load_room {
    double t_s[TRACK_POINTS], v[TRACK_POINTS], a[TRACK_POINTS];
    struct phase phases[TRACK_POINTS];
};

struct load_room *load_room_new(void)
{
    return memory_get(sizeof(struct load_room));
}

void load_room_free(struct load_room *room)
{
    free(room);
}

/* One phase for each stretch between steps; returns their number. */
static size_t find_phases(const struct track *track, struct phase *phases)
{
    size_t count = 0;
    for (size_t k = 0; k < track->count; k++) {
        if (k == 0 || track->points[k].after_step)
            phases[count++] = (struct phase){.kind = RUN_DISCHARGE, .first = k, .start_s = track->points[k].from_s};
        struct phase *phase = &phases[count - 1];
        double n = (double)(k - phase->first + 1);
        phase->last = k;
        phase->end_s = track->points[k].to_s;
        phase->mean_v += (track->points[k].v - phase->mean_v) / n;
        phase->mean_a += (track->points[k].a - phase->mean_a) / n;
    }
    return count;
}

void load_so_far(const struct track *track, struct load_room *room, struct load_so_far *ret_load)
{
    for (size_t k = 0; k < track->count; k++) {
        room->t_s[k] = track->points[k].t_s;
        room->v[k] = track->points[k].v;
        room->a[k] = track->points[k].a;
    }
    double readings = (double)track->readings / fmax(1, (double)track->count); /* a point's noise is smaller */
    struct series series = {.resolution = {[CHANNEL_CURRENT] = digit_found(&track->digit_a),
                                           [CHANNEL_VOLTAGE] = digit_found(&track->digit_v)}};
    struct trace trace = {.count = track->count, .t_s = room->t_s, .v = room->v, .a = room->a};
    struct ledger ledger;
    *ret_load = (struct load_so_far){.load = {.law = LOAD_UNKNOWN, .level = NAN}, .ohm = track_ohm(track)};
    ret_load->load.exponent = measure_unknown("there is no load yet");
    if (track->count == 0 || !ledger_init(&ledger, &trace))
        return;
    struct run run = {.kind = RUN_DISCHARGE, .last = track->count - 1, .phases = find_phases(track, room->phases)};
    struct basis basis = {.series = &series, .trace = &trace, .ledger = &ledger, .rig = track->rig};
    struct delivery delivery = {.basis = &basis, .runs = &run};
    struct step step = {.resistances = isnan(ret_load->ohm) ? 0 : 1, .resistance = {{.ohm = {.value = ret_load->ohm}}}};
    struct findings findings = {.phases = room->phases, .phase_count = run.phases, .steps = &step, .step_count = 1,
                                .noise_v = track_noise_v(track) / sqrt(readings)};
    ret_load->load = load_law_find(&delivery, &findings);
    findings.load = ret_load->load;
    findings.noise_v = 0; /* there are volts */
    struct asked asked = asked_nothing();
    struct notices notices = {0};
    ret_load->ripple = ripple_find(track->rig, &asked, &findings, &notices);
    notices_free(&notices);
    ledger_free(&ledger);
}
