/* Timecode: the frames of film as instants.
 *
 * H:MM:SS:FF counts frames at a nominal rate of 24, 25, 30, … a second. Film at 23.976, 29.97 or 59.94
 * runs slower than its count by 1000/1001. Drop-frame timecode (SMPTE ST 12-1) mends that by leaving
 * out two frame numbers (four at 59.94) at the start of every minute but each tenth: no frame is
 * dropped, only numbers, and 1:00:00;00 at 29.97 is frame 107 892. */
#ifndef RUNDOWN_INTAKE_TIMECODE_H
#define RUNDOWN_INTAKE_TIMECODE_H

#include "base/status.h"
#include "base/text.h"

struct frame_rate {
    int nominal;   /* frames counted in a second of timecode; 0: no rate known */
    double per_s;  /* frames in a second of time */
    bool drop;     /* drop-frame counting */
    bool variable; /* frames say nothing: an instant is known to the second */
};

/* Reads `25`, `29.97 drop`, `23.976 fps`, `30000/1001`, `variable` from the start of the span. Faults
 * as amount_read does: the column is a byte from 0. */
enum status frame_rate_read(struct span span, struct frame_rate *ret_rate, size_t *ret_used,
                            struct message *message);

/* The frame's number from zero, or -1 where that timecode does not exist: minutes or seconds past 59,
 * a frame at or past the nominal rate, a number that drop-frame counting leaves out. */
long timecode_frame(const struct frame_rate *rate, long hours, int minutes, int seconds, int frames);

/* The middle of the frame's showing, and half its length. With a variable rate, of the second. NaN
 * where the timecode does not exist. */
double timecode_seconds(const struct frame_rate *rate, long hours, int minutes, int seconds, int frames,
                        double *ret_halfwidth_s);

#endif
