/* Browser: the one that the desktop prefers, where there is a display. */
#ifndef RUNDOWN_WEB_BROWSER_H
#define RUNDOWN_WEB_BROWSER_H

/* Does nothing where there is none: the address is printed all the same. */
void browser_show(const char *address);

#endif
