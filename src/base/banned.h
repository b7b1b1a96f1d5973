/* Calls that overrun, keep hidden state, or depend on the locale are compile errors.
 * Included before every source file by the build. Use text.h, number.h and status.h instead. */
#ifndef RUNDOWN_BASE_BANNED_H
#define RUNDOWN_BASE_BANNED_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#pragma GCC poison gets sprintf vsprintf strcpy strcat strncat strncpy strtok atoi atol atof
#pragma GCC poison asctime ctime localtime gmtime rand srand system popen tmpnam mktemp

#endif
