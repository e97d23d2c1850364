# Messages that British trade English words in another way; everything else is American text with British words.
