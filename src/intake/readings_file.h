/* The file of hand readings while it is read: shared by readings.c, which places the instants in time,
 * and readings_heading.c, which reads the headings. Not for other modules. */
#ifndef RUNDOWN_INTAKE_READINGS_FILE_H
#define RUNDOWN_INTAKE_READINGS_FILE_H

#include "intake/readings.h"

struct clip {
    bool has_start;
    struct typed_time start;
    long line;
};

struct readings_file {
    const char *path;
    struct readings_form form;
    bool had_stated;          /* by a `how:` */
    struct sightings sightings;
    struct typed_time *times; /* beside sightings.instants */
    size_t time_capacity;
    struct clip *clips;
    size_t clip_count, clip_capacity;
    double date_s; /* midnight of `date:`, as Unix time of a local clock; NaN */
    double zone_s; /* east of Greenwich; NaN not stated */
    long number;   /* of the line being read */
    struct span line;
    struct notices *notices;
    struct message *message;
};

/* Reads the line when it is a heading or a clip line; *ret_taken says whether it was. */
enum status readings_heading(struct readings_file *file, bool *ret_taken);

/* A fault of the line being read, `at` bytes into it. */
__attribute__((format(printf, 4, 5)))
enum status readings_fault(const struct readings_file *file, size_t at, const char *remedy,
                            const char *what, ...);

#endif
