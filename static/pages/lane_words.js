// Owns what the name of each lane means, in a sentence; knows no ball.

export const EXPLAINED = {
  fat: "fat: the club dug in well before the ball",
  heavy: "heavy: turf first, and most of the distance",
  clean: "clean: ball first, as meant",
  thin: "thin: above the middle of the ball",
  bladed: "bladed: the edge met the ball’s middle",
};
