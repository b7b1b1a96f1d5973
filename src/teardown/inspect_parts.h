/* Inspect parts: what the modules that look at one kind of item share. */
#ifndef RUNDOWN_TEARDOWN_INSPECT_PARTS_H
#define RUNDOWN_TEARDOWN_INSPECT_PARTS_H

#include "teardown/inspection.h"
#include "teardown/opened_values.h"

/* What is around the conductors while `at_a` flows, the claimed current or else what the board is marked for: read
 * where a probe lay, else assumed. Without either current NaN: how warm it gets cannot be told. */
struct surroundings {
    double at_a;
    double outside_degc, inside_degc, board_degc;
    bool inside_read, board_read;
};

struct inspecting {
    const struct opened *opened;
    const struct rated *rated;
    struct surroundings around;
    struct inspection *out;
    struct message *message;
};

struct opened_look look_at(const struct inspecting *in, const struct inspected *item);

/* Lines of an item; one too many is an own bug. `measure` is closed. */
void say_measure(struct inspected *item, enum quantity quantity, const struct measure *measure, const char *what, ...)
    __attribute__((format(printf, 4, 5)));
void say_words(struct inspected *item, const char *what, const char *words, ...) __attribute__((format(printf, 3, 4)));
/* Adds a sentence to what it means, or to what speaks against the label. */
void say_means(struct inspected *item, const char *words, ...) __attribute__((format(printf, 2, 3)));
void say_against(struct inspected *item, enum rated_part part, const char *words, ...) __attribute__((format(printf, 3, 4)));

struct measure exactly(double value);
/* A value with one doubt, a half-width. */
struct measure within_half(double value, double half, const char *what);

/* One item each; the surroundings are known before. */
enum status inspect_conductor(struct inspecting *in, struct inspected *item); /* bus bars and balance leads too */
enum status inspect_protection(struct inspecting *in, struct inspected *item); /* fuse, board */
enum status inspect_sensor(struct inspecting *in, struct inspected *item);
enum status inspect_cells(struct inspecting *in, struct inspected *item);
enum status inspect_case(struct inspecting *in, struct inspected *item); /* vent, seal, and what holds things too */

/* After all of them: a fuse beside the conductors that it is to protect. */
void inspect_fuse_beside(struct inspecting *in);

/* `4S2P`; false where nothing is said or it is none. */
bool opened_arrangement(const struct opened_item *cells, int *ret_series, int *ret_parallel);
int inspect_cells_in_series(const struct inspecting *in); /* as counted, else by the label; 0 */
/* Cells that no sensor lies on, by their numbers: "1, 3, 4"; "" none or not known. */
void inspect_cells_unseen(const struct inspecting *in, char *ret_words, size_t size);

/* What flows through it: all of the current unless the words say another thing. */
bool in_the_path(const struct opened_item *item);

/* What to look at next. */
void inspect_steps(struct inspecting *in);

#endif
