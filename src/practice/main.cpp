// The practice rig: behaves like the instruments of a press, with mechanics of its own.
int main() { return 0; }
